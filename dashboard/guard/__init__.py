"""What stands between a request and the application: who asks, from where, and how answers are fenced."""
