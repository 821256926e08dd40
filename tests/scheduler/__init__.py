"""Tests of the room `scheduler`: neutral marks in, due checks and prompts out."""
