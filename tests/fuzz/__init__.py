"""Coverage-guided fuzzing of the readers: ``python -m tests.fuzz.run gpx --seconds 600``.

Each kind of file has a module with `check`, which takes bytes and raises where a reader breaks
its promise, and a folder of seeds. The seeds are replayed by every run of the tests; a file that
once broke a reader stays among them. Fuzzing itself needs ``pip install -e '.[fuzz]'``.
"""
