-- Makes a session at one tempo with Overbar Listen on an audio track, which hears the band, and Overbar on a
-- MIDI track, which goes by it. Arguments: folder, name, tempo.
local dir, name, tempo = arg[1], arg[2], tonumber(arg[3])
AudioEngine:set_backend("None (Dummy)", "Unit-Test", "")
local s = create_session(dir, name, 48000)
assert(s, "no session")
local tm = Temporal.TempoMap.fetch_writable()
tm:set_tempo(Temporal.Tempo(tempo, tempo, 4), Temporal.timepos_t(0))
tm:set_meter(Temporal.Meter(4, 4), Temporal.timepos_t(0))
Temporal.TempoMap.update(tm)

-- Parameters are set as shares of their range, by the names they are shown by.
local function set(track, wanted, share)
  local processor = track:nth_plugin(0)
  local plugin = processor:to_insert():plugin(0)
  local number = 0
  for at = 0, plugin:parameter_count() - 1 do
    if plugin:parameter_is_control(at) and plugin:parameter_is_input(at) then
      if plugin:parameter_label(at) == wanted then
        local _, given = plugin:get_parameter_descriptor(at, ARDOUR.ParameterDescriptor())
        local range = given[2]
        local value = range.lower + share * (range.upper - range.lower)
        assert(ARDOUR.LuaAPI.set_processor_param(processor, number, value), wanted)
        print(wanted, value)
        return
      end
      number = number + 1
    end
  end
  error("no parameter " .. wanted)
end

local last = ARDOUR.PresentationInfo.max_order
local bands = s:new_audio_track(1, 2, nil, 1, "band", last, ARDOUR.TrackMode.Normal, true, false)
for track in bands:iter() do
  local listen = ARDOUR.LuaAPI.new_plugin(s, "Overbar Listen", ARDOUR.PluginType.VST3, "")
  track:add_processor_by_index(listen, 0, nil, true)
  set(track, "Role", 0.5)
end
local info = ARDOUR.LuaAPI.new_plugin_info("Overbar", ARDOUR.PluginType.VST3)
local midi = ARDOUR.ChanCount(ARDOUR.DataType("midi"), 1)
local audio = ARDOUR.ChanCount(ARDOUR.DataType("audio"), 2)
local solos = s:new_midi_track(midi, audio, true, info, nil, nil, 1, "solo", last, ARDOUR.TrackMode.Normal, false, false)
for track in solos:iter() do
  set(track, "Beat source", 1)
end
-- They reach the plugin with the next blocks.
ARDOUR.LuaAPI.usleep(1000000)
s:save_state("")
print("saved")
close_session()
quit()
