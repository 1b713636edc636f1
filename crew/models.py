"""Hands on the models of crew."""
