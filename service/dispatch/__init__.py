"""Outward: claimed texts to the gateway and its answers back."""
