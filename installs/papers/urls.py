from django.urls import path

from installs.papers import views

urlpatterns = [
    path("papers/", views.all_papers, name="all-papers"),
    path("jobs/<str:number>/papers/", views.papers, name="papers"),
    path("jobs/<str:number>/papers/order", views.order, name="order-paper"),
    path("jobs/<str:number>/papers/<int:pk>/state", views.state, name="paper-state"),
    path("jobs/<str:number>/papers/<int:pk>/file", views.file, name="paper-file"),
    path("jobs/<str:number>/papers/<int:pk>/inputs", views.inputs, name="paper-inputs"),
    path("jobs/<str:number>/papers/<int:pk>/again", views.again, name="paper-again"),
    path("jobs/<str:number>/papers/<int:pk>/stop", views.stop, name="paper-stop"),
    path("jobs/<str:number>/papers/<int:pk>/seal", views.seal, name="paper-seal"),
    path("jobs/<str:number>/papers/sealed/<int:pk>", views.sealed_file, name="sealed-file"),
]
