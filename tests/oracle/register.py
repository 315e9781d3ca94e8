"""Reads a CSV file as two others do: Python's csv, and a spreadsheet program (gnumeric's ssconvert), which would also
reckon out a formula. Prints the rows of each."""
import csv, json, subprocess, sys, tempfile

path = sys.argv[1]
with open(path, newline="", encoding="utf-8") as file:
    rows = list(csv.reader(file, strict=True))
with tempfile.NamedTemporaryFile(suffix=".txt") as out:
    # As tab-parted text with every value quoted: what the cells show after the spreadsheet has taken them in.
    subprocess.run(["ssconvert", "-T", "Gnumeric_stf:stf_assistant",
                    "-O", "separator='\t' quoting-mode=always format=raw", path, out.name],
                   check=True, capture_output=True)
    with open(out.name, newline="", encoding="utf-8") as file:
        sheet = list(csv.reader(file, delimiter="\t"))
print(json.dumps({"csv": rows, "sheet": sheet}))
