from django.urls import path

from installs.people import views

urlpatterns = [
    path("sign-in/", views.sign_in, name="sign-in"),
    path("sign-out/", views.sign_out, name="sign-out"),
    path("people/", views.people, name="people"),
    path("people/firm/", views.firm, name="firm"),
    path("people/add/", views.person, name="person-add"),
    path("people/<int:pk>/", views.person, name="person"),
    path("people/<int:pk>/archive/", views.archive, name="person-archive"),
    path("people/cards/<int:pk>/archive/", views.archive_card, name="card-archive"),
]
