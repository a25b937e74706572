"""Benchmarks, and the tools that make what they need."""
