"""Drives `intake` in a real pseudo-terminal (pexpect). Arguments: program, folder, day, mode.
Modes: `talk` answers what stands as JSON on the standard input ([[what is waited for, what is typed] …]) and prints
all that was shown and how it ended; `interrupt` does the same again and again, each time with an interrupt (Ctrl-C)
in the place of one more answer, and prints how each ended."""
import json, os, sys
import pexpect

program, folder, day, mode = sys.argv[1:5]
talk = json.load(sys.stdin)


def begun():
    environment = {**os.environ, "NO_COLOR": "1", "TERM": "dumb"}
    environment.pop("SOURCE_DATE_EPOCH", None)
    return pexpect.spawn(program, ["intake", "--as-of", day], cwd=folder, encoding="utf-8", timeout=60,
                         env=environment, dimensions=(50, 160))


def ended(child):
    child.expect(pexpect.EOF)
    child.close()
    return {"exit": child.exitstatus, "signal": child.signalstatus}


if mode == "talk":
    child, shown = begun(), ""
    for waited, typed in talk:
        child.expect_exact(waited)
        shown += child.before + child.after
        child.sendeof() if typed is None else child.sendline(typed)
    end = ended(child)
    print(json.dumps({**end, "shown": shown + child.before}))
else:
    ends = []
    for at in range(len(talk)):
        child = begun()
        for waited, typed in talk[:at]:
            child.expect_exact(waited)
            child.sendline(typed)
        child.expect_exact(talk[at][0])
        child.sendintr()
        ends.append(ended(child))
    print(json.dumps(ends))
