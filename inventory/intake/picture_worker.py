"""Decodes one picture in a process of its own, with little memory and time: run as a script by `pictures`.

Reads the file named first, writes the working copy to the file named second, and one
line of JSON to standard output. It imports nothing of the program.
"""

from __future__ import annotations

import json
import resource
import sys
import warnings
from pathlib import Path

MEMORY_BYTES = 1536 * 1024 * 1024
CPU_SECONDS = 20
MOST_PIXELS = 60_000_000
LONGEST_SIDE = 4096
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF")


def decode(source: Path, target: Path) -> dict[str, object]:
    """Check and re-encode; the answer says what was found or why it is refused."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    warnings.simplefilter("error", Image.DecompressionBombWarning)
    try:
        with Image.open(source, formats=FORMATS) as found:
            kind = found.format or ""
            if found.width * found.height > MOST_PIXELS:
                return {"refused": "pixels"}
            # Telephones put small companions behind the picture (MPO); only the picture itself is read.
            if kind != "MPO" and getattr(found, "n_frames", 1) != 1:
                return {"refused": "frames"}
            found.load()
            upright = ImageOps.exif_transpose(found)
            has_holes = upright.mode in ("RGBA", "LA", "PA") or "transparency" in upright.info
            plain = upright.convert("RGBA" if has_holes else "RGB")
            plain.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
            # A new picture from the bare pixels: no comment, no position, no profile goes along.
            copy = Image.frombytes(plain.mode, plain.size, plain.tobytes())
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        return {"refused": "pixels"}
    except UnidentifiedImageError:
        return {"refused": "kind"}
    except MemoryError:
        return {"refused": "memory"}
    except (OSError, SyntaxError, ValueError, EOFError, ArithmeticError, LookupError, TypeError):
        return {"refused": "damaged"}
    ending = "png" if has_holes else "jpg"
    if has_holes:
        copy.save(target, "PNG", optimize=False)
    else:
        copy.save(target, "JPEG", quality=88)
    return {
        "kind": "JPEG" if kind == "MPO" else kind,
        "width": copy.width,
        "height": copy.height,
        "ending": ending,
    }


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    sys.stdout.write(json.dumps(decode(Path(sys.argv[1]), Path(sys.argv[2]))))
