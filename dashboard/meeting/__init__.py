"""The anonymised comparison for a discussion group: its page, its paper, the members' cards, the command."""
