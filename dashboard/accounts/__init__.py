"""Who may sign in: accounts, passwords, sessions, the limit on guesses, and the record of what was done."""
