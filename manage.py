#!/usr/bin/env python
"""Run Upperboard's commands: `python manage.py help` lists them."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.settings")
    try:
        from django.core.management import execute_from_command_line
    except ImportError:
        sys.exit("Django is not installed here. Run: pip install -r requirements.txt")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
