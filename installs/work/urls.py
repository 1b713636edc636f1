from django.urls import path

from installs.work import views

urlpatterns = [path("health", views.health, name="health")]
