"""Dialogs: finding a module, keys, about."""
