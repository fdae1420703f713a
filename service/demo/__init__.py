"""The demo: an invented association lives through a season on pretend phones."""
