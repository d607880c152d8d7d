#!/bin/sh
# Removes what install.sh installed for this user. Takes and projects are left alone.
set -eu
case "$(uname -s)" in
    Darwin) clap="$HOME/Library/Audio/Plug-Ins/CLAP"; vst3="$HOME/Library/Audio/Plug-Ins/VST3" ;;
    *) clap="$HOME/.clap"; vst3="$HOME/.vst3" ;;
esac
data="${XDG_DATA_HOME:-$HOME/.local/share}"
config="${XDG_CONFIG_HOME:-$HOME/.config}"
rm -rf "$clap/overbar.clap" "$vst3/overbar.vst3" "$data/doc/overbar"
rm -f "$HOME/.local/bin/overbar" "$HOME/.local/bin/overbar-panel"
rm -f "$data/man/man1/overbar.1" "$data"/man/man1/overbar-*.1
rm -f "$data/bash-completion/completions/overbar" "$data/zsh/site-functions/_overbar"
rm -f "$config/fish/completions/overbar.fish"
# Folders that are empty now may have been made by the installer; others stay.
for folder in "$clap" "$vst3" "$HOME/.local/bin" "$data/doc" "$data/man/man1" "$data/man" \
    "$data/bash-completion/completions" "$data/bash-completion" "$data/zsh/site-functions" "$data/zsh" \
    "$data" "$HOME/.local" "$config/fish/completions" "$config/fish" "$config"; do
    rmdir "$folder" 2>/dev/null || true
done
echo "Overbar is removed. Its takes are still in the data folder."
