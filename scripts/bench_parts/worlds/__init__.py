"""Invented worlds whose truth is known: what reconciling is measured on."""
