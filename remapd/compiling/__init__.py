"""The compiled form: what every frame goes through, as machine code made from the same source.

`subject` says which modules; `compiler` makes them with mypyc, for `backend`, through which pip
builds remapd; `making` keeps the result in the private environment of a checkout; `finder` takes it
where no source has changed since, and `form` says which form runs. The pure form, Python alone,
does the same and is what runs wherever anything about the compiled one is in doubt.

Standard library only: set-up and build come through here before anything is installed.
"""
