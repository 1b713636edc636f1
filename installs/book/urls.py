from django.urls import path

from installs.book import views

urlpatterns = [
    path("", views.book, name="job-book"),
    path("live/", views.book_live, name="job-book-live"),
]
