from django.urls import path

from installs.checklists import views

urlpatterns = [
    path("photos/<uuid:uuid>/", views.entry_photo, name="entry-photo"),
    path("checklists/", views.lists, name="job-lists"),
    path("checklists/copy/", views.copy, name="lists-copy"),
    path("checklists/<str:key>/", views.one, name="job-list"),
    path("checklists/<str:key>/key-in/", views.key_in_sheet, name="key-in"),
]
