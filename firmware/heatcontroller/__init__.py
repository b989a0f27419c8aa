VERSION = "0.1.0"

# "run", "idle" (a restart that was asked for), "service" or "hil". boot.py says which, once its
# checks are done; whatever it could not check stays in service.
boot_kind = "service"
