"""How a member of staff gets in: links, passwords, codes, visits."""
