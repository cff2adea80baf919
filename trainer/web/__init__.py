"""The pages. Flask is used here only."""
