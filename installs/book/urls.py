from django.urls import path

from installs.book import views

urlpatterns = [
    path("", views.book, name="job-book"),
    path("drawings/<str:phase>/", views.drawing, name="book-drawing"),
    path("live/", views.book_live, name="job-book-live"),
]
