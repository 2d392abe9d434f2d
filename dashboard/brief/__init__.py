"""What a consultant takes to the farm: visit brief, draw lists, dates, recording sheets, entry page."""
