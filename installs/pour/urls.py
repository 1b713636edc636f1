from django.urls import path

from installs.pour import paper_views, views

urlpatterns = [
    path("", views.page, name="pour"),
    path("order.txt", views.order, name="pour-order"),
    path("key-in/", paper_views.key_in_trucks, name="pour-key-in"),
    path("cure/key-in/", paper_views.key_in_cure, name="cure-key-in"),
    path("truck/", views.truck, name="pour-truck"),
    path("temperature/", views.temperature, name="pour-temperature"),
    path("logger/", views.logger, name="pour-logger"),
    path("strength-notice/", views.notice, name="strength-notice"),
    path("strength-notice/<int:pk>/paper/", views.notice_paper, name="strength-notice-paper"),
    path("early-release/", views.early_release, name="early-release"),
    path("early-release/<int:pk>/withdraw/", views.withdraw, name="early-release-withdraw"),
    path("early-release/<int:pk>/paper/", views.early_paper, name="early-release-paper"),
]
