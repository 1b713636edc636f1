from django.urls import path

from installs.people import first_views, own_views, sign_in_views, views

urlpatterns = [
    path("start/", first_views.first_start, name="first-start"),
    path("start/demo/", first_views.first_demo, name="first-demo"),
    path("sign-in/", sign_in_views.sign_in, name="sign-in"),
    path("sign-in/link/", sign_in_views.by_link, name="sign-in-link"),
    path("sign-out/", sign_in_views.sign_out, name="sign-out"),
    path("my-sign-in/", own_views.my_sign_in, name="my-sign-in"),
    path("my-sign-in/password/", own_views.my_password, name="my-password"),
    path("my-sign-in/codes/", own_views.my_codes, name="my-codes"),
    path("my-sign-in/codes/off/", own_views.my_codes_off, name="my-codes-off"),
    path("my-sign-in/codes/recovery/", own_views.my_recovery_codes, name="my-recovery-codes"),
    path("my-sign-in/sessions/end/", own_views.end_others, name="sessions-end"),
    path("my-sign-in/sessions/<uuid:handle>/end/", own_views.end_session, name="session-end"),
    path("people/", views.people, name="people"),
    path("people/add/", views.person, name="person-add"),
    path("people/<int:pk>/", views.person, name="person"),
    path("people/<int:pk>/link/", views.link, name="person-link"),
    path("people/<int:pk>/sign-out/", views.sign_out_person, name="person-sign-out"),
    path("people/<int:pk>/codes-off/", views.codes_off, name="person-codes-off"),
    path("people/<int:pk>/archive/", views.archive, name="person-archive"),
    path("people/cards/<int:pk>/archive/", views.archive_card, name="card-archive"),
]
