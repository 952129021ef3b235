"""Sections, items, motion, envelope, windows and contacts: plain arrays in and out.

Everything here is in one hub frame: origin at the centre of the mounting face at ride height with the wheels
straight, x forward, y outboard, z up; millimetres and radians.
"""
