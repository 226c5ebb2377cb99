def check(export): pass
