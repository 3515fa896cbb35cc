"""What is piped into a file is UTF-8, whatever code page the machine speaks."""

import os
import subprocess
import sys


def test_signs_that_a_code_page_lacks_do_not_stop_a_command(tmp_path):
    """PYTHONIOENCODING stands in for a Windows code page; ≥ is not in cp1252."""
    code = "import click\nfrom blankwright.cli import main\n"
    code += "main.cli.add_command(click.command('say')(lambda: click.echo('≥ − π')), 'say')\n"
    code += "main.COMMANDS.clear()\n"
    code += "main.cli.__class__.get_command = lambda s, c, n: s.commands.get(n)\n"
    code += "main.main(['say'])\n"
    path = tmp_path / "say.py"
    path.write_text(code, encoding="utf-8")
    environment = {**os.environ, "PYTHONIOENCODING": "cp1252", "PYTHONUTF8": "0"}
    ran = subprocess.run([sys.executable, str(path)], env=environment, capture_output=True)
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.decode("utf-8").strip() == "≥ − π"
