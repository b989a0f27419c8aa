# The link to the host: frames with a CRC, each numbered, each done once.
#
# SIGNATURES (the bodies are being written)
#   link = Link(machine, store, port, hello, sense=None)
#     port    .read(buffer) -> count, never waits;  .write(view) -> count taken, never waits
#     hello   dict: firmware, core, protocol, chip, reset, hard_timer
#     sense   only in the HIL boot: sense(values) takes the injected readings
#   link.serve(now_ms)                      reads, answers and drains what is queued
#   link.telemetry(seq, now_ms, inputs, command)   queued when there is room, else dropped, counted
#   link.event(seq, now_ms, code, seen, expected)
#   link.stop_seen (a 0x03 byte), link.skipped (bad lines), link.dropped (lines not sent),
#   link.reset_wanted: "" | "service" | "hil" (the app resets)
#
# FRAMES ["q",n,verb,...]; n must rise, except that hello may start anywhere; n again: answer again
#   hello                         ok {firmware,core,protocol,chip,reset,hard_timer,state}
#   config                        ok [key,...];   config KEY: ok value;   config KEY VALUE: ok
#   plans [INDEX]                 ok count [name id bytes]
#   put NAME OFFSET TOTAL PIECE   ok next_offset   (PIECE <= 512 bytes of the plan file as text;
#                                 the last one also gives the id)
#   remove NAME                   ok
#   arm NAME ID                   ok name countdown_ms
#   start ID                      ok countdown_ms
#   stop                          ok state
#   mark ["melted"|"not_melted"]  ok;   unmark  ok
#   lease                         ok state trip seen expected countdown_ms plan_name run_ms
#   clear TRIP                    ok      (TRIP: name of the trip being cleared)
#   log                           ok [[run,bytes],...];   log RUN OFFSET: ok next_offset text
#   service ["service"|"hil"]     ok, then a reset into that boot
#   sense [VALUES]                HIL boot only

PROTOCOL = 1
