from django.urls import path

from installs.export import views

urlpatterns = [
    path("everything/", views.state, name="archive-state"),
    path("everything/order", views.order, name="archive-order"),
    path("everything/stop", views.stop, name="archive-stop"),
    path("everything/file", views.file, name="archive-file"),
]
