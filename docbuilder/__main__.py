"""Run the command as `python -m docbuilder`."""

from docbuilder.cli.main import main

if __name__ == "__main__":
    main()
