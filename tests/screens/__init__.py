"""Tests of the screens, by keys only. Nothing here touches the shipped demo: all work on copies."""
