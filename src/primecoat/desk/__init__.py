"""The desk: a local page on a scene; every act of it is a verb of ``workflow``.

``serve`` opens it, ``app`` puts it together, ``guard`` keeps everyone else out, ``session`` holds
the survey that all windows share, ``work`` runs what takes long, ``events`` tells of it, and
``routes`` says what each address gives. FastAPI is loaded only when a desk is opened.
"""
