"""All commands."""

from __future__ import annotations

# Each of these adds its commands to the group; they are listed in this order.
# isort: off
from cornerwright.cli import commands_starting
from cornerwright.cli import commands_looking
from cornerwright.cli import commands_driving
from cornerwright.cli import commands_deciding
from cornerwright.cli.commands import app

__all__ = ["app", "commands_deciding", "commands_driving", "commands_looking", "commands_starting"]
