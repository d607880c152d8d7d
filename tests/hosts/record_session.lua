-- Arms the track that Overbar is on, plays another one into its MIDI input, and saves.
-- Arguments: folder, name, second to record to.
local dir, name, seconds = arg[1], arg[2], tonumber(arg[3])
AudioEngine:set_backend("None (Dummy)", "Unit-Test", "")
local s = load_session(dir, name)
assert(s, "no session")
local source = ARDOUR.TransportRequestSource.TRS_UI
local function wait(for_seconds) ARDOUR.LuaAPI.usleep(for_seconds * 1000000) end
wait(0.5)
local player, solo = s:route_by_name("player"), s:route_by_name("solo")
local from, to = player:output():midi(0), solo:input():midi(0)
to:disconnect_all()
print("connected", from:connect(to:name()))
solo:to_track():rec_enable_control():set_value(1, PBD.GroupControlDisposition.NoGroup)
s:request_locate(0, false, ARDOUR.LocateTransportDisposition.MustStop, source)
wait(0.5)
s:maybe_enable_record(false)
s:request_roll(source)
for _ = 1, 600 do
  if s:transport_sample() >= seconds * 48000 then break end
  wait(0.2)
end
print("recording", s:actively_recording())
s:request_stop(false, false, source)
wait(1.5)
print("recorded to", s:transport_sample())
s:save_state("")
print("saved")
close_session()
quit()
