-- Makes a session with a tempo and a metre change and MIDI tracks, of which the last has Overbar on it; or
-- one audio track with Overbar Listen. Arguments: folder, name, plugin, names of the tracks.
local dir, name, plugin = arg[1], arg[2], arg[3]
AudioEngine:set_backend("None (Dummy)", "Unit-Test", "")
local s = create_session(dir, name, 48000)
assert(s, "no session")
local tm = Temporal.TempoMap.fetch_writable()
tm:set_tempo(Temporal.Tempo(132, 132, 4), Temporal.timepos_t(0))
tm:set_meter(Temporal.Meter(4, 4), Temporal.timepos_t(0))
tm:set_meter(Temporal.Meter(3, 4), Temporal.timepos_t.from_ticks(16 * 1920))
tm:set_tempo(Temporal.Tempo(160, 160, 4), Temporal.timepos_t.from_ticks(22 * 1920))
Temporal.TempoMap.update(tm)
local info = ARDOUR.LuaAPI.new_plugin_info(plugin, ARDOUR.PluginType.VST3)
print("plugin", info and not info:isnil())
local midi = ARDOUR.ChanCount(ARDOUR.DataType("midi"), 1)
local audio = ARDOUR.ChanCount(ARDOUR.DataType("audio"), 2)
if plugin == "Overbar Listen" then
  local tracks = s:new_audio_track(1, 2, nil, 1, arg[4], ARDOUR.PresentationInfo.max_order, ARDOUR.TrackMode.Normal, true, false)
  for t in tracks:iter() do
    print(t:add_processor_by_index(ARDOUR.LuaAPI.new_plugin(s, plugin, ARDOUR.PluginType.VST3, ""), 0, nil, true))
  end
end
for n = 4, plugin == "Overbar" and #arg or 0 do
  local on_it = n == #arg and info or ARDOUR.PluginInfo()
  local tracks = s:new_midi_track(midi, n == #arg and audio or midi, true, on_it, nil, nil, 1, arg[n], ARDOUR.PresentationInfo.max_order, ARDOUR.TrackMode.Normal, false, false)
  for t in tracks:iter() do print(t:name(), t:nth_plugin(0):isnil()) end
end
s:save_state("")
print("saved")
close_session()
quit()
