"""Two small machines in two hands, and how to compare what was made of them."""

from __future__ import annotations

from cfgaudit.audit import audit_text
from cfgaudit.history.change import Change
from cfgaudit.history.comparing.compare import compare_machines

Files = dict[str, str]

STORK = {
    "stork.ini": """\
; a printer with a warm box
%include heat.ini
%include gantry.ini
[board main]
chip = STM32F407VGT6
link = /dev/serial/by-id/usb-one
[board head]
chip = RP2040
link = can0
address = 0x21
[aliases bay]
bay-socket = main.PB0
lamp-socket = main.PB1
""",
    "heat.ini": """\
[heater nozzle]
drive = head.gpio7
thermometer = head.gpio26, Pt1000, pull-up 2.2k
lowest = 5 °C
highest = 285 °C
power at most = 80 %
regulator = PID
pid p = 22.4
cooled by = fan cold-side
[guard nozzle]
watches = heater nozzle
must gain = 2 K
within = 20 s
keeps within = 8 K
[fan cold-side]
drive = head.gpio14
tachometer = head.gpio12 pull-up
runs with = heater nozzle, from 45 °C
at full = 100 %
[heater bed]
drive = main.PD12
thermometer = sensor bed-plate
lowest = 5 °C
highest = 110 °C
[sensor bed-plate]
thermometer = main.PC0, NTC 100k B3950, pull-up 4.7k
lowest = 0 °C
highest = 120 °C
[fan bay]
drive = bay-socket
power at least = 20 %
[light box]
drive = lamp-socket
colour = warm
""",
    "gantry.ini": """\
[motion]
kinematics = cartesian
top acceleration = 2000 mm/s²
[axis x]
lowest = -5 mm
highest = 485 mm
homes to = -5 mm
homes towards = low end
homing speed = 40 mm/s
top acceleration = 2000 mm/s²
[motor x]
step = main.PE2
direction = main.PE3
enable = main.PE4 active-low
full steps = 400
microsteps = 16
travel per turn = 40 mm
[driver x]
motor = x
running current = 1.0 A
holding current = 0.5 A
smooths steps = yes
[endstop x]
switch = main.PB12 pull-up
debounce = 2 ms
[probe]
signal = head.gpio10
offset x = -28 mm
[mesh bed]
low corner = 30, 30
high corner = 450, 450
count = 9 x 9
[macro park]
body =
    G90
    G1 X10 Y20 F3000
    lamp-off
[macro lamp-off]
body = set-light name=box level=0
""",
}
"""Blanks in names, ``=``, units, an include directive of its own."""

TEAL = {
    "teal.conf": """\
# bare numbers, another hand
!include parts/heat.conf
[axis.y]
minTravel: 0
maxTravel: 200
pulsePin: P2.3
dirPin: !P0.11
stepsPerRev: 200
mmPerRev: 32
accelLimit: 1500
limitSwitch: ^P1.26
""",
    "parts/heat.conf": """\
[bedHeater]
heatPin: P2.7
thermistorPin: P0.23
thermistorType: ntc100k3950
pullupOhms: 4700
tempFloor: 5
tempCeiling: 105
dutyCeiling: 1.0
kp: 61.5
[watchdog.bed]
heater: bedHeater
riseDegrees: 2
riseSeconds: 45
""",
}
"""``:``, one word for many, bare numbers."""


def edited(files: Files, *edits: tuple[str, str]) -> Files:
    """The files with each text replaced by another, everywhere; each must be there."""
    for old, new in edits:
        assert any(old in text for text in files.values()), old
        files = {path: text.replace(old, new) for path, text in files.items()}
    return files


def compare(before: Files, after: Files) -> tuple[Change, ...]:
    """The changes between two configurations, the main file first in each."""
    return compare_machines(audit_text(before).subject, audit_text(after).subject)


def only(changes: tuple[Change, ...]) -> Change:
    """The one change that there is."""
    assert len(changes) == 1, [(one.kind, one.address) for one in changes]
    return changes[0]
