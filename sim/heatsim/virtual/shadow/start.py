import beginning as b

b.cover()
b.run("boot.py", globals())
if not b.os.getenv("HEATWRIGHT_PROMPT"):
    b.run("main.py", globals())
