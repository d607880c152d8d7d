-- Plays the loop of a session, and then the session from its start, and saves it.
-- Arguments: folder, name, second to play to, seconds to loop.
local dir, name, seconds, loop = arg[1], arg[2], tonumber(arg[3]), tonumber(arg[4])
AudioEngine:set_backend("None (Dummy)", "Unit-Test", "")
local s = load_session(dir, name)
assert(s, "no session")
local source = ARDOUR.TransportRequestSource.TRS_UI
local function wait(for_seconds) ARDOUR.LuaAPI.usleep(for_seconds * 1000000) end
wait(0.5)
if loop > 0 then
  s:request_play_loop(true, false)
  wait(loop)
  s:request_stop(false, false, source)
  wait(0.5)
  s:request_play_loop(false, false)
  print("looped to", s:transport_sample())
end
s:request_locate(0, false, ARDOUR.LocateTransportDisposition.MustStop, source)
wait(0.5)
s:request_roll(source)
-- A machine that does not keep up plays later than the clock says.
for _ = 1, 600 do
  if s:transport_sample() >= seconds * 48000 then break end
  wait(0.2)
end
s:request_stop(false, false, source)
wait(0.5)
print("played to", s:transport_sample())
s:save_state("")
print("saved")
close_session()
quit()
