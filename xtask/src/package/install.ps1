# Installs Overbar for this user; needs no administrator.
$ErrorActionPreference = "Stop"
$common = Join-Path $env:LOCALAPPDATA "Programs\Common"
foreach ($format in "CLAP", "VST3") {
    $folder = Join-Path $common $format
    New-Item -ItemType Directory -Force -Path $folder | Out-Null
    $name = "overbar." + $format.ToLower()
    $target = Join-Path $folder $name
    # An older one goes first, so that nothing of it is left.
    if (Test-Path $target) { Remove-Item -Recurse -Force $target }
    Copy-Item -Recurse (Join-Path $PSScriptRoot "$format\$name") $target
    Write-Output "Installed: $target"
}
$folder = Join-Path $env:LOCALAPPDATA "Programs\Overbar"
New-Item -ItemType Directory -Force -Path $folder | Out-Null
foreach ($program in "overbar.exe", "overbar-panel.exe") {
    $source = Join-Path $PSScriptRoot "program\$program"
    if (Test-Path $source) {
        Copy-Item -Force $source $folder
        Write-Output "Installed: $folder\$program"
    }
}
Copy-Item -Recurse -Force (Join-Path $PSScriptRoot "manual") $folder
Write-Output "Installed: $folder\manual\README.md"
Write-Output "Let your DAW scan for new plugins."
