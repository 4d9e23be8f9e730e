"""An answer on paper: what a PDF sheet says, its pictures, and the program that sets it."""
