"""The trade's rules as pure functions: crops, days, amounts, rest and harvest."""
