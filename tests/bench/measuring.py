"""What every benchmark does: runs a command for its wall time and peak memory, and holds figures against limits."""
import os
import subprocess
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
missed = []


def make_peak(folder):
    """The program that measures another; its verdicts lie beside it."""
    global peak
    peak = os.path.join(folder, "peak")
    compile_c(os.path.join(HERE, "peak.c"), peak)


def compile_c(source, program):
    subprocess.run([os.environ.get("CC", "cc"), "-O2", "-o", program, source], check=True)


def measure(command, folder, output=os.devnull, wanted=(0, 1)):
    """Seconds and peak KiB of a command, which must end with one of the statuses."""
    told = peak + ".txt"
    with open(output, "wb") as out:
        status = subprocess.run([peak, told, *command], cwd=folder, stdout=out, stderr=subprocess.DEVNULL, check=False).returncode
    if status not in wanted:
        sys.exit(f"{' '.join(command)}: status {status}, expected {wanted}")
    with open(told, encoding="ascii") as file:
        seconds, memory = file.read().split()
    return float(seconds), int(memory)


def limit(name, value, most, form):
    met = value <= most
    print(f"limit {name}: {form.format(value)} of at most {form.format(most)} {'met' if met else 'MISSED'}")
    if not met:
        missed.append(name)
