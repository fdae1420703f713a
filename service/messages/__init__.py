"""What is said to a grower: kinds, texts, rendering, a message's states, phone numbers."""
