"""`python -m stubout`: the command line, where its own command is not on the path."""

from stubout.cli.main import app

if __name__ == "__main__":
    app(prog_name="stubout")
