# Runs after boot.py: starts the controller as what boot.py has decided on.
import gc
import time

# Collected this often while modules load, their leavings do not scatter what stays: a plan then
# finds its blocks in a heap that is a fifth smaller.
gc.threshold(4096)

import heatcontroller
from heatcontroller import startup, wiring

startup.main(wiring, time, heatcontroller.boot_kind)
