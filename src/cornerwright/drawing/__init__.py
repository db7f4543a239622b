"""A car or a result as a picture: dimensioned SVG and small charts. Layout only, no rule of the trade."""
