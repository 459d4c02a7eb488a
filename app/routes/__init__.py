"""Routes: read the request, call a service, render."""
