"""``python -m readiness`` does what ``readiness`` does."""

from readiness.cli.main import run

if __name__ == "__main__":
    run()
