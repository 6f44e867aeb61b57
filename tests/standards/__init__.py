"""Scales held to what has been published about them: an export goes in, the warehouse is asked."""
