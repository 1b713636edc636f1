from django.urls import path

from crew import views

urlpatterns = [path("", views.home, name="home")]
