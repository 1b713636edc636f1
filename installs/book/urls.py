from django.urls import path

from installs.book import views

urlpatterns = [path("", views.book, name="job-book")]
