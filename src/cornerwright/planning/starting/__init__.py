"""A new car from what a tape can measure: what is asked, how it is measured, and how answers become a car."""
