"""What is said in words of a chart, its form and areas, the hand, and drills, for every output."""
