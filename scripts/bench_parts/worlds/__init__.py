"""Invented railways with a known truth, written down as registers would have, faults and all: to measure on."""
