"""Money and metal: what a conductor costs against what it loses, with the designer's own prices."""
