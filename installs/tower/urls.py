from django.urls import path

from installs.tower import views

urlpatterns = [
    path("", views.page, name="tower"),
    path("torque/", views.torque, name="tower-torque"),
    path("torque/key-in/", views.key_in_joint, name="torque-key-in"),
]
