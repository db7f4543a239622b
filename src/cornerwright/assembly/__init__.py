"""The one place where documents become arrays, and arrays become answers."""
