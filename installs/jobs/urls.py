from django.urls import path

from installs.jobs import letter_views, views

urlpatterns = [
    path("jobs/open/", views.open_job, name="job-open"),
    path("jobs/<str:number>/edit/", views.edit, name="job-edit"),
    path("jobs/<str:number>/archive/", views.archive, name="job-archive"),
    path("jobs/<str:number>/deviations/<int:deviation>/answer/", views.answer, name="deviation-answer"),
    path("jobs/<str:number>/releases/<str:part>/stands/", views.stands, name="release-stands"),
    path("jobs/<str:number>/drafts/<str:part>/letter/", letter_views.record, name="acceptance-letter"),
    path(
        "jobs/<str:number>/acceptances/<int:pk>/letter/",
        letter_views.letter,
        name="acceptance-letter-file",
    ),
    path(
        "jobs/<str:number>/confirmations/<int:pk>/letter/",
        views.confirmation_letter,
        name="confirmation-letter",
    ),
]
