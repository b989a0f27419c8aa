# What the controller keeps through a power cut: configuration, plans, the "open" marker, the log.
#
# SIGNATURES (the bodies are being written)
#   store = Store(files, log_runs=10)
#     files   .read(path) -> bytes|None  .replace(path, data)  .append(path) -> handle(.write .flush
#             .close)  .remove(path)  .rename(a, b)  .list(folder) -> [(name, bytes)]; raise OSError
#   store.config() -> Config            store.set_config(key, value) -> None | (code, text)
#   store.plans() -> [names]            store.plan(name) -> bytes | None
#   store.keep_plan(name, data)         store.remove_plan(name) -> bool
#   store.marker() -> str ("" if none)  store.open_marker(text) -> bool  store.close_marker()
#   store.watchdog_resets() -> int      store.count_boot(by_watchdog)    store.forget_resets()
#   store.begin_run(header) store.log(line) store.end_run()  store.log_ok
#   store.runs() -> [(number, bytes)]   store.read_run(number, offset, count) -> bytes
