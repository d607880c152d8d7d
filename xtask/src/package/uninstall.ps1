# Removes Overbar from this user's plugin folders. Takes and projects are left alone.
$ErrorActionPreference = "Stop"
$common = Join-Path $env:LOCALAPPDATA "Programs\Common"
foreach ($format in "CLAP", "VST3") {
    $target = Join-Path $common ("$format\overbar." + $format.ToLower())
    if (Test-Path $target) { Remove-Item -Recurse -Force $target }
}
$program = Join-Path $env:LOCALAPPDATA "Programs\Overbar"
if (Test-Path $program) { Remove-Item -Recurse -Force $program }
Write-Output "Overbar is removed. Its takes are still in the data folder."
