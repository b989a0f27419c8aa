# The state machine. It reads no clock and touches no pin or file: all of these are passed in.
#
# SIGNATURES (the bodies are being written)
#   machine = StateMachine(config, outputs, store, say)
#     config  heatcontroller.config.Config
#     outputs .apply(now_ms, command): what the tick wants (duty, relay, fan, door_cue)
#             .off(): both heater outputs off at once
#     store   heatcontroller.store.Store, or anything with marker() open_marker(text) close_marker()
#             plan(name) watchdog_resets() forget_resets()
#     say     say(run_ms, code, seen, expected): one event, for the record, the log and the host
#   machine.step(now_ms, inputs) -> Command      once a tick (250 ms); now_ms is uptime, unwrapped
#   Verbs give None when done, or (code, text) when refused:
#     arm(now_ms, name, plan_id="", by="host")   idle -> armed: shows the plan, writes the marker
#     start(now_ms)                              armed: begins the countdown (COUNTDOWN_MS)
#     stop(now_ms, by="host")                    always obeyed; running -> cooling, armed -> idle
#     mark(now_ms, melted=True)  unmark(now_ms)  lease(now_ms)
#     clear(now_ms, by="host")                   tripped -> idle, only when proven off
#     serve()                                    -> service, for good (left by reset)
#   Attributes: state (IDLE..SERVICE; STATES has the names), command, plan (or None), plan_name,
#     run_ms (0 at the first running tick), countdown_ms, trip, trip_seen, trip_expected,
#     proven_off
#   Only the state machine writes inputs.mark (count of marks) and inputs.host_age_ms.

IDLE, ARMED, RUNNING, COOLING, TRIPPED, SERVICE = 0, 1, 2, 3, 4, 5
STATES = ("idle", "armed", "running", "cooling", "tripped", "service")
