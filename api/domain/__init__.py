"""The trade and the rules. Standard library only, so worker, API and tests share one truth."""
