"""Kernels on ragged strokes: arrays in, arrays out."""
