from django.urls import path

from installs.emergency import views

urlpatterns = [
    path("", views.emergency, name="emergency"),
    path("edit/", views.emergency_edit, name="emergency-edit"),
]
