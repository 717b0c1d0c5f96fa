"""The text about a chart, its form and areas, the hand, and drills, which all outputs share."""
