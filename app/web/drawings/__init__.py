"""This package lays out the pictures of the pages, which the macros then draw."""
