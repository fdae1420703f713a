"""Any gateway with an HTTP interface, by settings: requests out, webhooks and USSD screens in."""
