"""`python -m triplog`: the command `triplog`, by the interpreter it is installed for."""

from triplog.cli.main import run

if __name__ == "__main__":
    run()
