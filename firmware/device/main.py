# Runs after boot.py: starts the controller as what boot.py has decided on.
import time

import heatcontroller
from heatcontroller import startup, wiring

startup.main(wiring, time, heatcontroller.boot_kind)
