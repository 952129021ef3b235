"""``python -m wellroom``."""

from __future__ import annotations

from wellroom.cli import main

if __name__ == "__main__":
    main()
