from django.urls import path

from installs.foundation import views

urlpatterns = [
    path("", views.page, name="foundation"),
    path("bars/", views.bars, name="foundation-bars"),
]
