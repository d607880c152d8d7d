#!/bin/sh
# Installs Overbar for this user; needs no root.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
case "$(uname -s)" in
    Darwin) clap="$HOME/Library/Audio/Plug-Ins/CLAP"; vst3="$HOME/Library/Audio/Plug-Ins/VST3" ;;
    *) clap="$HOME/.clap"; vst3="$HOME/.vst3" ;;
esac
data="${XDG_DATA_HOME:-$HOME/.local/share}"
config="${XDG_CONFIG_HOME:-$HOME/.config}"

# install_file FROM TO MODE: where the package has it; a package may hold the plugins alone
install_file() {
    [ -e "$1" ] || return 0
    mkdir -p "$(dirname "$2")"
    install -m "$3" "$1" "$2"
}

mkdir -p "$clap" "$vst3"
# An older one goes first, so that nothing of it is left.
rm -rf "$clap/overbar.clap" "$vst3/overbar.vst3" "$data/doc/overbar"
cp -R "$here/CLAP/overbar.clap" "$clap/"
cp -R "$here/VST3/overbar.vst3" "$vst3/"
echo "Installed: $clap/overbar.clap"
echo "Installed: $vst3/overbar.vst3"
for program in overbar overbar-panel; do
    [ -e "$here/program/$program" ] || continue
    install_file "$here/program/$program" "$HOME/.local/bin/$program" 755
    echo "Installed: $HOME/.local/bin/$program"
done
for page in "$here"/program/man/*.1; do
    install_file "$page" "$data/man/man1/$(basename "$page")" 644
done
shells="$here/program/completions"
install_file "$shells/overbar.bash" "$data/bash-completion/completions/overbar" 644
install_file "$shells/_overbar" "$data/zsh/site-functions/_overbar" 644
install_file "$shells/overbar.fish" "$config/fish/completions/overbar.fish" 644
if [ -e "$here/manual" ]; then
    mkdir -p "$data/doc/overbar"
    cp -R "$here/manual" "$data/doc/overbar/"
    echo "Installed: $data/doc/overbar/manual/README.md"
fi
case ":$PATH:" in
    *":$HOME/.local/bin:"*) ;;
    *) echo "To call overbar by name, add $HOME/.local/bin to your PATH." ;;
esac
echo "Let your DAW scan for new plugins."
