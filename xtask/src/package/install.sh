#!/bin/sh
# Installs Overbar for this user; needs no root.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
case "$(uname -s)" in
    Darwin) clap="$HOME/Library/Audio/Plug-Ins/CLAP"; vst3="$HOME/Library/Audio/Plug-Ins/VST3" ;;
    *) clap="$HOME/.clap"; vst3="$HOME/.vst3" ;;
esac
mkdir -p "$clap" "$vst3"
# An older one goes first, so that nothing of it is left.
rm -rf "$clap/overbar.clap" "$vst3/overbar.vst3"
cp -R "$here/CLAP/overbar.clap" "$clap/"
cp -R "$here/VST3/overbar.vst3" "$vst3/"
echo "Installed: $clap/overbar.clap"
echo "Installed: $vst3/overbar.vst3"
if [ -e "$here/program/overbar" ]; then
    mkdir -p "$HOME/.local/bin"
    install -m 755 "$here/program/overbar" "$HOME/.local/bin/overbar"
    echo "Installed: $HOME/.local/bin/overbar"
fi
echo "Let your DAW scan for new plugins."
