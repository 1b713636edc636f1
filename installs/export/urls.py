from django.urls import path

from installs.export import views

urlpatterns = [
    path("everything/order", views.order, name="archive-order"),
    path("everything/file", views.file, name="archive-file"),
]
