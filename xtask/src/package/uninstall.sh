#!/bin/sh
# Removes Overbar from this user's plugin folders. Takes and projects are left alone.
set -eu
case "$(uname -s)" in
    Darwin) clap="$HOME/Library/Audio/Plug-Ins/CLAP"; vst3="$HOME/Library/Audio/Plug-Ins/VST3" ;;
    *) clap="$HOME/.clap"; vst3="$HOME/.vst3" ;;
esac
rm -rf "$clap/overbar.clap" "$vst3/overbar.vst3"
rm -f "$HOME/.local/bin/overbar"
# Folders that are empty now may have been made by the installer; others stay.
rmdir "$clap" "$vst3" "$HOME/.local/bin" "$HOME/.local" 2>/dev/null || true
echo "Overbar is removed. Its takes are still in the data folder."
