"""The screens for the terminal, on Textual: ``readiness browse``. They ask the library and decide nothing."""
