"""Fairlead's measuring side: video in, keyframes and checkpoints with uncertainty out."""
