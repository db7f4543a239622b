"""The random linkages are a module beside these tests; other test folders import it the same way."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
