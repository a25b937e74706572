"""The whole program on a virtual sound card in real time: how soon it answers, falls silent, comes back."""
