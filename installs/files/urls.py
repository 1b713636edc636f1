from django.urls import path

from installs.files import views

urlpatterns = [path("photos/<uuid:uuid>/", views.entry_photo, name="entry-photo")]
