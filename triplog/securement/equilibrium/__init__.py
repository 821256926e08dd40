"""The static envelope: the acceleration a scene of rigid bodies withstands, heading by heading.

It knows no plan: `scene.py` has the records (newtons, metres, x forward, y left, z up). Imports
itself and the standard library. Start reading at `withstands.py`.
"""
