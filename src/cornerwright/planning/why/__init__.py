"""Why a number is what it is: every key of the answers, its equation, its inputs and its doubt."""
