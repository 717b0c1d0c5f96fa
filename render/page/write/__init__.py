"""Documents as files: PDF, SVG, PNG."""
