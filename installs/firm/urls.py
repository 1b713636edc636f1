from django.urls import path

from installs.firm import views

urlpatterns = [
    path("people/firm/", views.firm, name="firm"),
    path("people/firm/mark/", views.firm_mark, name="firm-mark"),
    path("people/contacts/add/", views.contact, name="contact-add"),
    path("people/contacts/<int:pk>/", views.contact, name="contact"),
    path("people/contacts/<int:pk>/archive/", views.contact_archive, name="contact-archive"),
    path("jobs/<str:number>/contacts/", views.contacts, name="contacts"),
    path("jobs/<str:number>/contacts/add/", views.job_contact, name="job-contact-add"),
    path("jobs/<str:number>/contacts/<int:pk>/", views.job_contact, name="job-contact"),
    path(
        "jobs/<str:number>/contacts/<int:pk>/archive/",
        views.job_contact_archive,
        name="job-contact-archive",
    ),
]
