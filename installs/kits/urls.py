from django.urls import path

from installs.kits import views

urlpatterns = [
    path("kits/", views.kits, name="kits"),
    path("kits/<str:table>/<int:pk>/archive/", views.archive, name="kit-archive"),
    path("jobs/<str:number>/kit/", views.of_job, name="kit-of-job"),
    path("jobs/<str:number>/kit/take/", views.take, name="kit-take"),
    path("jobs/<str:number>/kit/questions/", views.questions, name="kit-questions"),
]
